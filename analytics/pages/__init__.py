"""What each analysis page shows: results in a coach's words, rows of ready text, figures. Rounded here, not before."""
