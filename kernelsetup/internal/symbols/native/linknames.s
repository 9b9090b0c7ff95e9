// An assembly file lets functions be declared without a body.
