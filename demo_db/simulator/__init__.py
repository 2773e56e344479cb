"""An invented shop, simulated: what truly happens to the metal, and what the shop writes down."""
