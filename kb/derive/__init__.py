"""Features that follow from others: same shape as rules, without limits."""
