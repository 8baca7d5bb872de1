# Reads `avr-size -A` and the virtual board's report; prints flash and RAM against their budgets and
# ends with 1 where one is exceeded.
$1 == ".text" || $1 == ".data" { flash += $2 }
$1 == ".data" || $1 == ".bss" || $1 == ".noinit" { data += $2 }
$2 == "stack_bytes" { stack = $3 }
END {
    printf "flash %d of %d bytes\n", flash, flash_budget
    printf "RAM %d of %d bytes: %d data, %d stack at its deepest, %d free, at least %d wanted\n",
        data + stack, ram, data, stack, ram - data - stack, reserve
    exit !(stack > 0 && flash <= flash_budget && ram - data - stack >= reserve)
}
