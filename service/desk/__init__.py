"""The desk: everything that can be asked of Ringfold, whoever asks and however."""
