"""What if: what other molds, people, accelerator or buckets would bring."""
