"""Grips: tunings, playable shapes, and the best way through the changes.

The flow: ``tunings`` and ``hand`` are data; ``fingers`` and ``rules`` say what a hand can
hold and which tones must sound; ``enumerate`` lists every grip of a chord; ``table``,
``cost`` and ``linecost`` weigh them; ``problem`` turns a form into a ``network`` of choices
that ``search`` (helped by ``bounds``) solves exactly; ``voice`` is the whole of it. After
that, ``moves`` and ``lines`` describe the answer, ``readings``, ``slips`` and ``naming`` say
what any grip is, ``doubts`` looks over a chart, ``bestkey`` compares keys, and ``diagram``,
``strip`` and ``report`` show it.

Tunings, like all tuples of strings, run from the highest-numbered string to string 1.
"""
