"""An enquiry read out of a pasted mail or message: proposals for the form, and what is in doubt."""
