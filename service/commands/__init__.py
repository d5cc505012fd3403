"""The commands of ``ringfold``; each module holds one, as ``command``."""
