"""Lines and words of the set-up card; the card itself is `study/setup_card.py`."""
