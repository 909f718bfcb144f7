"""The chart language: model, reader, writer and the unrolled form."""
