"""A set list: tunes in an order, with keys, tempos and choruses, for paper and for the stand."""
