"""Two witnesses, one judgement: it sees records of numbers only, never a picture."""
