"""From a coil to the bench: plan of the work, what stops it, marks, templates, what is drawn."""
