"""The terms of refineries: their sheets in versions, the form of one, a parcel under it."""
