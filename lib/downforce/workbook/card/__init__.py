"""Set-up card: the card, its page and its preview."""
