"""Grips: tunings, playable shapes, and the best way through the changes.

The flow: in ``shapes``, ``tunings`` and ``hand`` are data, ``fingers`` and ``rules`` give what a
hand can hold and which tones must sound, and ``enumerate`` lists every grip of a chord. In
``search``, ``table``, ``cost`` and ``line_cost`` count what grips and changes cost,
``form_network`` turns a form into a ``network`` of choices that ``search`` solves exactly,
``voice`` is the whole of it, and ``best_key`` compares keys. ``vocabulary`` counts the shapes of
the answer, ``melody`` puts the tune on top, ``names`` says what any grip is and what is doubtful
in a chart, ``drawings`` shows grips, lines and moves.
"""
