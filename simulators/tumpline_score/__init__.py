"""The score: simulated shifts through the service's engine, in memory, held against what truly happened.

The one package that knows both the simulated line and the service; neither of them knows it.
"""
