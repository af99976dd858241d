"""Who may open what: every address of the house, by the act it asks for.

The names of the acts are those of ``inventory.rules.core.roles.ACTS``. Beside each
address stands the kind of row it is tried with, see ``access_rows``.
"""

OBJECTS = {
    "see": [
        ("crate_return", "crate_return"),
        ("return_bol", "crate_return"),
        ("return_packing_list", "crate_return"),
        ("delivery", "delivery"),
        ("shipment", "shipment"),
        ("unit", "unit"),
        ("tailgate", "open_delivery"),
        ("truck_on_phone", "open_delivery"),
        ("machine_on_phone", "unit"),
        ("receipt_words", "open_delivery"),
        ("evidence", "evidence"),
        ("photo", "photo"),
        ("original", "evidence"),
        ("finding", "transit_finding"),
        ("setup", "setup_unit"),
        ("setup_sheet", "setup_unit"),
        ("signed_sheet", "sign_off"),
        ("minutes", "setup_unit"),
        ("part_tag", "part_tag"),
        ("part_tag_pdf", "part_tag"),
        ("crate", "yard_crate"),
        ("expected_delivery", "expected"),
        ("packaging_hold", "packaging_hold"),
        ("crate_labels", "shipment"),
        ("crate_labels_pdf", "labels_query"),
    ],
    "log-delivery": [
        ("edit_delivery", "open_delivery"),
        ("add_bill", "open_delivery"),
        ("edit_handover", "open_handover"),
        ("withdraw_delivery", "open_delivery"),
        ("withdraw_bill", "open_handover"),
        ("withdraw_crate", "open_crate"),
        ("close_empties_truck", "open_delivery"),
        ("withdraw_expected", "expected"),
        ("answer_over", "open_crate"),
    ],
    "complete-papers": [
        ("edit_shipment", "shipment"),
        ("edit_crate", "open_crate"),
        ("add_unit", "shipment"),
        ("edit_unit", "unit"),
    ],
    "add-evidence": [
        ("add_evidence", "evidence_query"),
        ("mark_photo", "evidence"),
    ],
    "look": [
        ("add_crates", "open_shipment"),
        ("look", "open_crate"),
    ],
    "sign-receipt": [
        ("sign_receipt", "open_delivery"),
        ("terminal_mail", "unsigned_delivery"),
        ("terminal_mail_file", "unsigned_delivery"),
    ],
    "note-receipt": [
        ("note_receipt", "delivery"),
        ("compare_image", "handover"),
        ("record_disposition", "refused_crate"),
    ],
    "inspect": [
        ("open_crate", "crate"),
        ("inspect_unit", "stage"),
        ("begin_setup", "setup_unit"),
        ("read_line", "setup_line"),
        ("decide_line", "setup_line"),
        ("record_damage", "setup_line"),
        ("sign_off_setup", "setup_unit"),
        ("book_minutes", "setup_unit"),
        ("reverse_minutes", "booked"),
        ("tag_part", "transit_finding"),
        ("collect_part", "part_tag"),
        ("scrap_part", "part_tag"),
        ("record_finding", "finding_query"),
        ("edit_finding", "transit_finding"),
    ],
    "send-out": [
        ("leave_unit", "setup_unit"),
        ("take_back_unit", "setup_unit"),
    ],
    "price": [("price_finding", "transit_finding")],
    "decide": [
        ("answer_handling", "handling_finding"),
        ("route_finding", "transit_finding"),
        ("release_unsigned", "setup_unit"),
        ("enter_model", "setup_unit"),
        ("decide_paper", "paper"),
        ("override_deadline", "deadline"),
        ("counsel", "claim"),
        ("arguments", "claim"),
    ],
    "release-hold": [("release_hold", "hold"), ("waive_part", "part_tag")],
    "keep-crates": [
        ("set_crate_identity", "crate"),
        ("give_marks", "shipment"),
        ("set_crate_type", "yard_crate"),
        ("check_crate", "yard_crate"),
        ("scrap_crate", "yard_crate"),
        ("dispose_crate", "crate"),
    ],
    "release-packaging": [
        ("ask_carrier", "packaging_hold"),
        ("carrier_letter", "packaging_hold"),
        ("carrier_asked", "packaging_hold"),
        ("ask_supplier", "packaging_hold"),
        ("supplier_asked", "packaging_hold"),
        ("supplier_letter", "packaging_hold"),
        ("stop_clock", "packaging_hold"),
        ("release_packaging", "packaging_hold"),
    ],
    "withhold-evidence": [
        ("withhold_evidence", "evidence"),
        ("show_evidence", "evidence"),
    ],
    "see-mail": [("mail", "mail"), ("mail_file", "mail")],
    "keep-mail": [("call_off_mail", "mail"), ("mail_came_back", "mail")],
    "see-claims": [
        ("claim", "claim"),
        ("packet", "packet"),
        ("packet_originals", "listed_packet"),
        ("packet_checker", "listed_packet"),
        ("packet_changes", "second_packet"),
        ("lighter_file", "lighter_file"),
        ("working_file", "claim"),
        ("notice", "notice"),
        ("notice_letter", "notice"),
        ("claim_letters", "claim"),
        ("claim_letter", "claim_letter"),
        ("claim_letter_pdf", "claim_letter"),
    ],
    "make-claim": [
        ("make_claim", "shipment"),
        ("supplement_claim", "claim"),
        ("adjust_line", "line"),
        ("strike_line", "line"),
        ("take_estimate", "line"),
        ("send_claim", "claim"),
        ("record_receipt", "claim"),
        ("record_acknowledgement", "claim"),
        ("record_offer", "claim"),
        ("record_disallowance", "claim"),
        ("withdraw_claim", "claim"),
        ("tell_withdrawal", "claim"),
        ("ask_inspection", "claim"),
        ("record_inspection", "claim"),
        ("record_permission", "claim"),
        ("ask_papers", "claim"),
        ("supply_papers", "claim"),
        ("record_salvage", "claim"),
        ("send_supplement", "supplement"),
        ("receive_supplement", "supplement"),
        ("write_notice", "notice_query"),
        ("mail_notice", "notice"),
        ("send_notice", "notice"),
        ("receive_notice", "notice"),
        ("write_claim_letter", "letter_kind"),
        ("send_claim_letter", "claim_letter"),
        ("mail_claim_letter", "claim_letter"),
        ("receive_claim_letter", "claim_letter"),
        ("drop_claim_letter", "claim_letter"),
    ],
    "record-payment": [
        ("record_payment", "claim"),
        ("reverse_payment", "payment"),
    ],
    "settle-claim": [
        ("record_counter", "claim"),
        ("accept_offer", "claim"),
        ("decide_payment", "payment"),
        ("record_settlement", "claim"),
        ("give_up_claim", "claim"),
        ("reopen_claim", "claim"),
    ],
    "build-packet": [
        ("build_packet", "claim"),
        ("packet_preview", "claim"),
        ("make_lighter", "listed_packet"),
        ("file_facts", "claim"),
    ],
    "ship-crates": [
        ("edit_return", "crate_return"),
        ("stage_crates", "crate_return"),
        ("ship_return", "crate_return"),
        ("receive_return", "return_left"),
        ("cancel_return", "crate_return"),
        ("take_off_crate", "return_line"),
    ],
    "see-deposits": [
        ("deposit", "deposit"),
        ("entry", "entry"),
        ("memo", "memo"),
        ("short_credit", "short_credit"),
        ("dispute_letter", "short_credit"),
        ("supplier_statement", "place_and_supplier"),
    ],
    "plan-returns": [("set_return_costs", "place_and_supplier")],
    "post-deposits": [
        ("match_deposit", "deposit"),
        ("withdraw_deposit", "deposit"),
        ("forfeit_deposit", "deposit"),
        ("reverse_entry", "entry"),
        ("lose_crate", "return_line_left"),
        ("add_memo_line", "memo"),
        ("match_memo_line", "memo_line"),
        ("accept_short", "short_credit"),
        ("dispute_short", "short_credit"),
        ("win_short", "short_credit"),
        ("ask_write_off", "short_credit"),
    ],
    "approve-write-off": [
        ("approve_write_off", "short_credit"),
    ],
}
"""Pages of one row at one location: unknown to everyone of another location."""

POST_ONLY = {
    "add-evidence": [
        ("capture", "evidence_query"),
        ("phone_key", "evidence_query"),
    ],
    "look": [
        ("clear_rest", "open_delivery"),
        ("say_unseen", "open_handover"),
        ("undo", "undoable"),
    ],
    "log-delivery": [("record_fact", "open_delivery")],
    "keep-crates": [("empty_crate", "yard_crate")],
    "keep-mail": [("send_mail_again", "mail")],
    "make-claim": [
        ("renew_notice_letter", "notice"),
        ("claim_letter_draft", "letter_kind"),
    ],
    "post-deposits": [
        ("post_memo", "memo"),
        ("drop_memo_line", "memo_line"),
        ("renew_dispute_letter", "short_credit"),
    ],
}
"""Addresses that only take an act and show no page."""

SHARED = {
    "decide": [("edit_setup_list", "machine_kind")],
    "keep-partners": [("edit_carrier", "carrier"), ("edit_supplier", "supplier")],
    "keep-terms": [
        ("crate_types", "supplier"),
        ("add_crate_type", "supplier"),
        ("edit_crate_type", "crate_type"),
        ("add_terms", "supplier"),
    ],
    "see-deposits": [
        ("state_balance", "supplier"),
    ],
}
"""Rows that belong to no location: whoever may do the act anywhere may open them."""

LISTS = {
    "see": [
        "returns",
        "dock",
        "bench",
        "part_tags",
        "deliveries",
        "find_crate",
        "crates",
        "expected",
        "reminders",
    ],
    "log-delivery": ["log_delivery", "add_expected", "import_expected"],
    "see-mail": ["outbox"],
    "see-claims": ["claims"],
    "decide": ["setup_lists"],
    "keep-partners": ["carriers", "add_carrier", "suppliers", "add_supplier"],
    "ship-crates": [
        "make_return",
    ],
    "see-deposits": [
        "memos",
        "short_credits",
        "statements",
        "deposits",
        "balances",
        "journal",
    ],
    "plan-returns": ["plan_returns"],
    "post-deposits": [
        "charge_deposits",
        "bring_in_openings",
        "lock_period",
        "account_numbers",
        "enter_memo",
        "import_memo",
    ],
}

OPEN = ["search", "cautions", "phone_me"]
"""Open to everyone signed in; it finds only what their locations hold."""

READS = ["read_codes"]
"""Open to everyone signed in, by POST only; it saves nothing and looks up no row."""

OWN = ["make_calendar", "end_calendar", "end_morning_mail"]
"""What a person does with their own reminders, by POST only, at any dock of theirs."""

TOKENS = ["calendar"]
"""Opens without signing in for whoever has the token; any other is not found."""

ADMINISTRATOR = [
    ("people", None),
    ("add_person", None),
    ("edit_person", "person"),
    ("locations", None),
    ("add_location", None),
    ("edit_location", "location"),
]

HOMES = {
    "rosa": "dock",
    "tomas": "bench",
    "mina": "claims",
    "abel": "deposits",
    "ada": "people",
}
"""Where ``home`` sends each person."""
