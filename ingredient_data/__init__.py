"""Tables of ingredients, their figures and the sources behind them."""
