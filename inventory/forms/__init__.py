"""Forms of the stock pages: what is typed turned into what services take."""
