"""Is it worth sending out? The choice about residues, drawn, in words and line by line."""
