"""Sound: a performance in, blocks of stereo samples out, and the files made of them.

An additive synthesiser in numpy. The flow, one module a step:

``voices``, ``kit`` and ``desk`` (instruments and their seats, as data) → ``strikes`` (a performance
as distinct sounds and when each is struck) → ``partials`` (decaying sines as a matrix product),
``noise``, ``pluck``, ``struck``, ``glide`` (one note) → ``note_sounds`` (each distinct one once) →
``mixdown`` (notes added where they sound, panned, with the ``room``) → ``k_weighting``,
``loudness`` and ``true_peak`` (ITU-R BS.1770) → ``limiter`` and ``mastering`` (gain, dither) →
``encode`` and ``audio_files`` (files and an ``audio_report`` on them). ``shares`` divides the work
among processes or threads, ``blas`` and ``memory`` set up the libraries.

Conventions: samples are float32, full scale is 1.0, stereo arrays have shape (frames, 2);
every duration carries its unit in its name.
"""
