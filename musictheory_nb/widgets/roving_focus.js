// roving_focus
