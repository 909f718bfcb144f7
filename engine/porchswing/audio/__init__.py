"""Sound: a performance in, blocks of stereo samples out, and the files made of them.

An additive synthesiser in numpy. The flow, one module a step:

``voices`` and ``kit`` (what each instrument is, as data) → ``partials`` (decaying sines as a
matrix product), ``noise``, ``pluck``, ``struck`` (one note) → ``notes`` (each distinct note
once) → ``render`` (notes added where they sound, panned, with the ``room``) → ``loudness``
(ITU-R BS.1770) → ``master`` (gain, fade, dither) → ``wav``, ``encode``, ``write`` (files).

Conventions: samples are float32, full scale is 1.0, stereo arrays have shape (frames, 2);
every duration carries its unit in its name.
"""
