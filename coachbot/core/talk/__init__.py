"""The conversation with the athlete: reading answers, moving through the topics, and what each dialog leads to."""
