"""How the cards of several judges make one placing: one small pure function a method."""
