"""EPCIS 2.0 and its vocabulary (CBV 2.0) without a database: names of things, hashes of events, faults of documents."""
