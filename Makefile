# SPDX-License-Identifier: MIT
# Build to $(B)/thrice. `make V=1` shows commands; `make B=dir` builds elsewhere; SAN=1 adds ASan and UBSan.
B ?= build
CC ?= cc
V ?= 0
Q := $(if $(filter 1,$(V)),,@)

PKGS := libmicrohttpd sqlite3 jansson libsodium talloc libqrencode libutf8proc
WARN := -Wall -Wextra -Wshadow -Wconversion -Wformat=2 -Wstrict-prototypes -Wmissing-prototypes \
        -Wcast-qual -Wundef -Wvla -Wimplicit-fallthrough -Werror=format-security $(if $(CI),-Werror)
HARD := -D_FORTIFY_SOURCE=2 -fstack-protector-strong -fstack-clash-protection -fcf-protection
OPT := -O2 $(HARD)
LDHARD := -pie -Wl,-z,relro,-z,now,-z,noexecstack
ifeq ($(SAN),1)
  OPT := -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer
  LDHARD :=
endif
ifeq ($(SAN),thread)
  OPT := -O1 -g -fsanitize=thread
  LDHARD :=
endif
CFLAGS := -std=c11 -D_GNU_SOURCE -g -fPIE $(WARN) $(OPT) -Iinclude $(shell pkg-config --cflags $(PKGS))
LIBS := $(shell pkg-config --libs $(PKGS)) -lcsv -lpthread -lm

LAYERS := base assess store auth http handlers
# Lowest last: a layer links with those behind it only.
lib = $(B)/lib$(1).a
src = $(wildcard server/$(1)/*.c)
obj = $(patsubst %.c,$(B)/%.o,$(call src,$(1)))

all: $(B)/thrice

define LAYER
$(call lib,$(1)): $(call obj,$(1))
	$(Q)rm -f $$@ && $(AR) rcs $$@ $$^
endef
$(foreach l,$(LAYERS),$(eval $(call LAYER,$(l))))

$(B)/%.o: %.c
	@mkdir -p $(@D)
	$(if $(Q),@echo "  CC $<")
	$(Q)$(CC) $(CFLAGS) -MMD -MP -c $< -o $@

# What is embedded: migrations and web/, each turned into an assembler file with a table.
include server/embed.mk

TOP := $(patsubst %.c,$(B)/%.o,$(wildcard server/*.c server/cmd/*.c))
LAYER_LIBS := $(foreach l,handlers http auth store assess base,$(call lib,$(l)))
$(B)/thrice: $(TOP) $(EMBEDDED) $(LAYER_LIBS)
	$(if $(Q),@echo "  LD $@")
	$(Q)$(CC) $(CFLAGS) $(LDHARD) -o $@ $(TOP) $(EMBEDDED) -Wl,--start-group $(LAYER_LIBS) -Wl,--end-group $(LIBS)

-include $(wildcard tests/*.mk)

clean:
	rm -rf $(B)

-include $(shell find $(B) -name '*.d' 2>/dev/null)
.PHONY: all clean
