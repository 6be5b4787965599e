"""How likely is it that something gets through: life-cycle models of the parasites, run over a plan and its log."""
