"""One folder for each thing that a person does beyond editing."""
