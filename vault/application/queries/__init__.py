"""What can be asked of the book: each answer a frozen record, ready to be shown as it is."""
