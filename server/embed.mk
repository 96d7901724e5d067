# Embedded files: see server/embed.sh (kept beside it). EMBEDDED holds the objects to link.
MIGRATIONS := $(sort $(wildcard migrations/*.sql))
WEB_FILES := $(shell find web -type f 2>/dev/null | sort)
EMBEDDED := $(B)/embed/migrations.o $(B)/embed/web.o

$(B)/embed/migrations.S: $(MIGRATIONS) server/embed.sh
	$(Q)sh server/embed.sh migrations $(B)/embed $(MIGRATIONS)
$(B)/embed/web.S: $(WEB_FILES) server/embed.sh
	$(Q)sh server/embed.sh web $(B)/embed web
$(B)/embed/%.o: $(B)/embed/%.S
	$(Q)$(CC) -c $< -o $@
