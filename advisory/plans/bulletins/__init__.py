"""Bulletins: whom they meet, and what may be told of what became of them."""
