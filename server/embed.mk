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
