"""The performance: written music played, with swing, spread and human timing."""
