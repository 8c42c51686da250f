"""What the bench needs: forming boards, build order, slide-on order, labels, exits."""
