"""The best grips for a lane: costs and the exact search over them."""
