"""Pages of gear: fetch, bind the form, call one action, lead on."""
