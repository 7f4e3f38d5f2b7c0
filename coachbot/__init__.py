"""Coachbot: a chat coach for athletes coming back from a hamstring strain, run by their clinician."""
