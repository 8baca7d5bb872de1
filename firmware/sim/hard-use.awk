# A script for the virtual board: one second of edges at 5,000 a second, turning about now and then,
# with noise on its UART all the while.
BEGIN {
    srand(1)
    for (us = 100000; us < 1100000; us += 200) {
        printf "%d %s\n", us, (us % 50000) < 40000 ? "+" : "-"
        if (us % 2000 == 0)
            printf "%d rx %02x%02x%02x00\n", us, 256 * rand(), 256 * rand(), 256 * rand()
    }
    print "1200000 ."
}
