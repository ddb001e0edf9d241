DROP TABLE commitments;
