"""The screen of the residues."""
