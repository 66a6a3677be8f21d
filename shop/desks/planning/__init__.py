"""What stock of a part is planned, and why: the plan of one part, and the targets for whole kits."""
