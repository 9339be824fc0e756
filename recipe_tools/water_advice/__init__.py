"""What to do with a water: sulfite against chlorine, acid, dilution; with what rules find in it."""
