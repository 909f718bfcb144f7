"""Staff notation in and out: MusicXML and ABC lead sheets, charts as MusicXML."""
