"""Close-out: quoted against actual, what an hour earned, the certificate."""
