"""The pure core of Ringfold: what can happen in a judged class, what it means, what may be done."""
