"""The life of a claim, its proof, its claimant and where a finding goes."""
