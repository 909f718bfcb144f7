"""What a hand can hold: grips, tunings, hands, fingers and the rules of a grip."""
