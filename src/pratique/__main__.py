from pratique.cli.main import run

run()
