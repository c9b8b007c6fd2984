"""The screens. They hold no rule: they show what planning and the walks say, and record ticks."""
