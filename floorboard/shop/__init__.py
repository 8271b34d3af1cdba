"""What the shop is: people, materials, mixes, pieces, molds, stations, orders."""
