"""Frame lift limits: frame lift, ballast and weighing."""
