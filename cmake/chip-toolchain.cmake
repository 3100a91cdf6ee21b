# avr-g++ of Debian (gcc-avr, avr-libc) for an 8-bit chip with 32 KiB flash and 2.5 KiB RAM.
set(CMAKE_SYSTEM_NAME Generic)
set(CMAKE_SYSTEM_PROCESSOR avr)
set(CMAKE_CXX_COMPILER avr-g++)
set(CMAKE_AR avr-gcc-ar CACHE FILEPATH "reads objects with link-time code")
set(CMAKE_RANLIB avr-gcc-ranlib CACHE FILEPATH "")
set(CMAKE_TRY_COMPILE_TARGET_TYPE STATIC_LIBRARY)
set(CMAKE_CXX_FLAGS_INIT
  "-mmcu=atmega32u4 -fno-exceptions -fno-rtti -fno-threadsafe-statics -ffunction-sections -fdata-sections -Wall -Wextra -Wconversion -Wshadow -Werror")
# Smaller is all that matters: registers are saved by shared code, calls are short where they can be, and what only one
# caller calls is drawn into it across files.
set(CMAKE_CXX_FLAGS_MINSIZEREL_INIT "-Os -flto -mcall-prologues -mrelax -fno-split-wide-types -fno-tree-scev-cprop -fno-jump-tables -fno-move-loop-invariants -fno-gcse")
set(CMAKE_EXE_LINKER_FLAGS_INIT "-mmcu=atmega32u4 -mrelax -Wl,--gc-sections")
