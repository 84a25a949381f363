"""What the Add menu makes on the wall: text, helper figures, a colour chart."""
