"""What the bench needs: order, forming board, slide-on order."""
