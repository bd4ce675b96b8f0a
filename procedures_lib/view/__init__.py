"""Views: a joint, a step, a preparation, a closing, a hand-over as values, for every front end."""
