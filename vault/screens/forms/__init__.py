"""Small forms: each says what it is about, takes a few fields, and records one entry.

    form = WeighForm(kit, "B-0031", parent)     # kit.py: the book, and what a form may do
    form.recorded.connect(…)                    # a sentence on what was recorded
    form.open()

A form goes from field to field with Enter, records with Enter in the last one or Ctrl+Enter
anywhere, and is left with Escape. What is typed is kept as a draft, with the key of its action.
"""
