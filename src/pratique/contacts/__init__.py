"""Who could have infected whom: a graph of waters, gear, hands and things, followed backward and forward."""
