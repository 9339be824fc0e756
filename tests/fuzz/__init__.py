"""Coverage-guided fuzzing of everything that reads bytes from strangers, and what it has found."""
