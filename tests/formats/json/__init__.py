"""Reading BeerJSON."""
