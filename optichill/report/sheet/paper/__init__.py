"""Paper at true size: the template taped round the form, and the spacer comb, tiled over pages."""
