"""Lead sheets in: MusicXML and ABC."""
