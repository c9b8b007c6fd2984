"""Labels to print: asset tags and case lids with a code that a scanner types back."""
