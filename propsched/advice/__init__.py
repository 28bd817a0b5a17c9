"""Plan and daybook to what to do: state, jobs, cautions."""
