"""pratique: quarantine and treatment planning for marine fish. Importing this imports nothing else."""

VERSION = "0.1.0"
