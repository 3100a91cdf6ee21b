let tiny;
