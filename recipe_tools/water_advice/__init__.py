"""What follows from a water report: findings, dechlorination, acid, dilution."""
