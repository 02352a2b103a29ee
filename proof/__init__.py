"""What belief should be: the model in code of its own, sampled by NUTS, frozen for the tests."""
