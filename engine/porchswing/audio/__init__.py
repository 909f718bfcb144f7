"""Sound: a performance in, blocks of stereo samples out, and the files made of them.

An additive synthesiser in numpy. The flow, one module a step:

``voices``, ``kit`` and ``desk`` (instruments and their seats, as data) → ``strikes`` (a performance
as distinct sounds and when each is struck) → ``partials`` (decaying sines as a matrix product),
``noise``, ``pluck``, ``struck``, ``glide`` (one note) → ``notes`` (each distinct one once) →
``render`` (notes added where they sound, panned, with the ``room``) → ``loudness`` (ITU-R BS.1770)
→ ``master`` (gain, fade, dither) → ``wav``, ``encode``, ``write`` (files and a ``report`` on them).
``shares`` lets several processes or threads do it, ``blas`` and ``memory`` see to the libraries.

Conventions: samples are float32, full scale is 1.0, stereo arrays have shape (frames, 2);
every duration carries its unit in its name.
"""
