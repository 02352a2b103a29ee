"""A simulated photographer's world, written apart from Stillroom: it imports nothing of it.

Open side (``public``, ``classes``, ``scenario``), hidden side (``truth``, ``physics``, ``curve``),
sheets (``sheets``), people without the tool (``by_hand``), the best there is (``oracle``), the
tool at the end of a pipe (``tool``, ``advice_check``), runs and tables (``runs``, ``tally``).
All data is invented.
"""
