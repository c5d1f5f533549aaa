"""Reading old order lines, part descriptions and drawing titles: free text to fields, nothing silently dropped.

Here belongs what finds chain numbers, attachments, spacings, lengths, counts, materials and features in pasted
text, each with its place and a probability. What the numbers and lengths mean is said by `chains` and `units`.
"""
