"""What an engineer would lift out: quantities, threads, tightening, the dyno; on plain values."""
