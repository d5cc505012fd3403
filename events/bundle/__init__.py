"""A bundle: a class's events with their proofs, its rule book and its signed results in one file.

The file is UTF-8 text, one canonical JSON object a line (sorted keys, no spaces, LF at each end):

1. ``bundle``: format, stream, number of events, and the signed checkpoint they are proved against;
2. ``rulebook``: the content the class is held to, and its digest;
3. ``consistency`` (optional): the proof that the checkpoint's log continues an earlier one;
4. ``event``, once each from version 1 on: position in the log, inclusion path, canonical event;
5. ``result``, once an official revision: the document, the note that signs it, and the proof that
   the checkpoint's log continues the one whose root the document names;
6. ``seal``: the note that signs every byte before this line as a ``bundle``, with one signature.

Hashes are base64. Nothing but the log's verifier keys is needed to check one. A bundle proves what
is in it: that a class has no later events, only a newer bundle can show.
"""
