"""From a formula to jars: weights, shopping, fill, cost, declaration."""
