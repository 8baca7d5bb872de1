# Reads `avr-size -A`, the bound of stack.py and the virtual board's report. Prints flash and RAM
# against their budgets, and ends with 1 if one is exceeded or the bound turns out to be none.
$1 == ".text" || $1 == ".data" { flash += $2 }
$1 == ".data" || $1 == ".bss" || $1 == ".noinit" { data += $2 }
$2 == "bound_bytes" { stack = $3 }
$2 == "stack_bytes" { seen = $3 }
END {
    free = ram - data - stack
    printf "flash %d of %d bytes\n", flash, flash_budget
    printf "RAM %d of %d bytes: %d data, at most %d stack (%d seen); %d free, at least %d wanted\n",
        data + stack, ram, data, stack, seen, free, reserve
    exit !(seen > 0 && seen <= stack && flash <= flash_budget && free >= reserve)
}
