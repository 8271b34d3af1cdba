"""Shop set-up: forms for people, materials, mixes, pieces, molds, stations and orders."""
