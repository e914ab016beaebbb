"""What every answer is made of, and its writers: an answer is built once, and page, paper, terminal and file write it."""
