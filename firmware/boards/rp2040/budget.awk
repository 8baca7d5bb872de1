# Reads `size -A` and the virtual board's report. Prints flash, RAM and stack against their budgets, and
# ends with 1 if one is exceeded.
$1 == ".loader" { flash += 256 }
$1 == ".text" || $1 == ".data" { flash += $2 }
$1 == ".data" || $1 == ".bss" { data += $2 }
$1 == ".noinit" { log_bytes = $2 }
$2 == "stack_bytes" { seen = $3 }
END {
    printf "flash %d of %d bytes\n", flash, flash_budget
    printf "RAM %d of %d bytes, and %d for the log\n", data, ram, log_bytes
    printf "stack %d of %d bytes seen; %d free, at least %d wanted\n", seen, stack_ram, stack_ram - seen, reserve
    exit !(seen > 0 && flash <= flash_budget && data <= ram && stack_ram - seen >= reserve)
}
