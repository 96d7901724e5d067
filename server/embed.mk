# Embedded files: see server/embed.sh. EMBEDDED holds the objects to link.
MIGRATIONS := $(sort $(wildcard migrations/*.sql))
WEB_FILES := $(shell find web -type f 2>/dev/null | sort)
EMBEDDED := $(B)/embed/migrations.o $(B)/embed/web.o

$(B)/embed/migrations.c: $(MIGRATIONS) server/embed.sh
	$(Q)sh server/embed.sh migrations $(B)/embed $(MIGRATIONS)
$(B)/embed/web.c: $(WEB_FILES) server/embed.sh
	$(Q)sh server/embed.sh web $(B)/embed web
$(B)/embed/%.o: $(B)/embed/%.c
	$(if $(Q),@echo "  CC $<")
	$(Q)$(CC) $(CFLAGS) -c $< -o $@

# Stand-ins for what is not written yet; searched last, so anything real wins.
$(B)/thrice: LIBS := $(B)/libmissing.a $(LIBS)
$(B)/libmissing.a: $(B)/server/missing/missing.o
	$(Q)rm -f $@ && $(AR) rcs $@ $^
$(B)/thrice: $(B)/libmissing.a
