/* SPDX-License-Identifier: MIT
 * Names for the demo school, by chance from many places. First names alone: they are nobody's. */
#include "demo_internal.h"

const char demo_school_name[] = "Thistledown Hollow Primary";

const char *const demo_names[DEMO_PUPILS] = {
    "Aadhya", "Abeni", "Aiko", "Ailsa", "Ajani", "Alaric", "Amina", "Anouk", "Aoife", "Arjun",
    "Astrid", "Ayaan", "Azadeh", "Bao", "Beatriz", "Bilal", "Blessing", "Bronwen", "Caio", "Callum",
    "Ceren", "Chidi", "Cian", "Clementine", "Dafydd", "Dalia", "Darya", "Deniz",
    "Dilan", "Diya", "Ebele", "Efua", "Eilidh", "Ekow", "Elio", "Elowen", "Emeka", "Esme",
    "Ewa", "Farah", "Fenna", "Filip", "Fionn", "Freya", "Giulia", "Gwen", "Hamza", "Hana",
    "Haruki", "Hugo", "Ifan", "Ilse", "Imran", "In\xc3\xaas", "Ioana", "Isla",
    "Iver", "Jamal", "Jasleen", "Jonas", "Kaia", "Kamil", "Keira", "Kenji", "Khadija", "Kofi",
    "Laleh", "Leif", "Linh", "Luca", "\xc5\x81ucja", "Lumi", "Maeve", "Malik", "Mariam", "Mateo",
    "Mei", "Milan", "Nadia", "Naima", "Nikhil", "Noor", "Nuala", "Ois\xc3\xadn",
    "Olamide", "Orla", "Otto", "Padma", "Petros", "Priya", "Quentin", "Rania", "Ravi", "Rhys",
    "Rosa", "Samir", "Sanne", "Senna", "S\xc3\xb8ren", "Suki", "Tadeo", "Tamsin", "Tariq", "Thandi",
    "Tove", "Umut", "Vesna", "Vihaan", "Wanjiru", "Xiomara", "Yusuf", "Zo\xc3\xab",
};
