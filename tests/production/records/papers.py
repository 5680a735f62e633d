"""Papers for tests: a small brewery's records as CSV files, one of every kind, written into any folder.

Each file is a table of text as its people would type it. A test changes cells with `changed` and writes what it wants.
"""

import csv
from pathlib import Path

Papers = dict[str, list[dict[str, str]]]

_TABLES = {
    "people": """
        person,name,role
        ada,Ada Brook,receiving
        ben,Ben Marsh,brewing
        cleo,Cleo Field,quality
        dora,Dora Hill,accounting
    """,
    "materials": """
        material,name,kind,unit,arrives,contents,contents_unit
        PILS,Pilsner malt,malt,kg,released,,
        SAAZ,Saaz pellets,hop,kg,quarantined,,
        YEAST,House yeast,yeast,kg,released,,
        AID,Kieselguhr,filter_aid,kg,released,,
        CROWN,Crown corks,packaging,each,released,,
        WORT,Wort,wort,L,released,,
        LAGER,Lager,beer,L,released,,
        KEG,Lager 50 L keg,packaged,each,released,50,L
    """,
    "material_settings": """
        material,shelf_life_days,open_days,warmest_arrival_c,delivery_tolerance_pct,count_tolerance_pct,allergens,allergens_exempt_in_eu,animal_origin,claims
        PILS,365,30,,1.5,,barley,,no,
        SAAZ,,,8,,,,,,vegan; gluten_free
    """,
    "parties": """
        party,name,role
        MALTSTER,Stow Maltings,supplier
        INN,The Heron,customer
    """,
    "contacts": """
        contact,party,name,role,phone,email,at_night,note
        INN-1,INN,Rose Hill,Licensee,030 23125 007,,yes,
    """,
    "locations": """
        location,name,kind,filling,capacity,unit,temperature_c,band
        STORE,Dry store,store,,,,,
        COLD,Cold store,store,,,,-1.5,
        SILO,Silo,silo,mixed,20,t,,
        FV1,Fermenter 1,fermenter,,40,hL,,
        FV2,Fermenter 2,fermenter,,40,hL,,
        BT1,Bright tank,bright_tank,,,,,
        BRINK,Yeast brink,brink,,,,,
        LAB,Laboratory,laboratory,,,,,
        SILO9,Layered silo,silo,layered,20,t,,0.5
    """,
    "specifications": """
        record,happened_at,recorded_by,material,property,least,most,in_force_from,withdrawn,source
        E1,2026-02-20 08:00,cleo,PILS,moisture,,5.2,2026-02-20,,Contract of the year
    """,
    "strain_settings": """
        record,happened_at,recorded_by,yeast,last_generation,least_viability_pct,most_days,rate,harvest_from_days,harvest_until_days,in_force_from,source
        YS1,2026-02-20 08:10,cleo,YEAST,6,85.5,10,0.75,5,9,2026-02-20,Own standard
    """,
    "packaging_rules": """
        record,happened_at,recorded_by,material,pattern,l_prefix,life,life_in,to_months_end,in_force_from
        PR1,2026-02-20 08:20,cleo,KEG,{year}{day},yes,6,months,yes,2026-02-20
    """,
    "place_temperatures": """
        record,happened_at,recorded_by,location,temperature_c
        WA1,2026-03-22 06:00,ada,STORE,12.5
    """,
    "climate_limits": """
        record,happened_at,recorded_by,location,least_c,most_c,tolerated_minutes,silent_minutes
        KL1,2026-02-20 09:10,cleo,COLD,-2,4.5,90,720
    """,
    "climate_readings": """
        record,happened_at,recorded_by,location,logger,read_at,temperature_c
        KR1,2026-03-09 06:00,ada,COLD,T-1,2026-03-08 06:00,-1.4
        KR1,2026-03-09 06:00,ada,COLD,T-1,2026-03-08 18:00,2.5
    """,
    "climate_corrections": """
        record,happened_at,recorded_by,location,logger,first_at,last_at,counts,reason
        KC1,2026-03-09 06:30,cleo,COLD,T-1,2026-03-08 18:00,2026-03-08 20:00,,Battery changed
    """,
    "minimum_lives": """
        record,happened_at,recorded_by,customer,material,days
        ML1,2026-02-20 09:00,ada,INN,KEG,30
    """,
    "supply_contracts": """
        record,happened_at,recorded_by,contract,supplier,material,quantity,unit,begins_on,ends_on,crop_year,note
        SC1,2026-02-20 09:20,ada,K-26,MALTSTER,PILS,60,t,2026-01-01,2026-12-31,2025,Called off by telephone
    """,
    "reorder_settings": """
        record,happened_at,recorded_by,material,supplier,lead_days,policy,quantity,unit,service_pct,review_days,pack,least,ended
        RS1,2026-02-20 09:30,ada,SAAZ,MALTSTER,10,fixed,20,kg,97.5,,5,10,
    """,
    "purchase_orders": """
        record,happened_at,recorded_by,supplier,order,material,quantity,unit,due_on,supplier_reference,contract,note
        PO1,2026-02-23 08:00,ada,MALTSTER,4711,CROWN,12000,each,2026-03-02,,,By lorry
        PO1,2026-02-23 08:00,ada,MALTSTER,4711,PILS,5,t,2026-03-02,SM-9,K-26,By lorry
    """,
    "customer_orders": """
        record,happened_at,recorded_by,customer,order,wanted_on,material,count,customer_reference,deliver_to,note
        CO1,2026-03-19 08:00,ada,INN,SO-1,2026-03-21,KEG,5,7788,Yard gate,Ring first
    """,
    "deliveries": """
        record,happened_at,recorded_by,supplier,note_number,material,lot,supplier_lot,quantity,unit,location,best_before,generation,contents_lot,order
        D1,2026-03-02 08:00,ada,MALTSTER,N-1,PILS,M1,SM-77,5,t,SILO,2027-03-01,,,4711
        D1,2026-03-02 08:00,ada,MALTSTER,N-1,SAAZ,H1,,20000,g,STORE,,,,
        D1,2026-03-02 08:00,ada,MALTSTER,N-1,YEAST,Y1,,50,kg,COLD,,1,,
        D1,2026-03-02 08:00,ada,MALTSTER,N-1,AID,A1,,100,kg,STORE,,,,
        D1,2026-03-02 08:00,ada,MALTSTER,N-1,CROWN,K1,,10000,each,STORE,,,,4711
        D2,2026-03-02 09:00,ada,MALTSTER,N-2,PILS,M2,,2000,kg,SILO,,,S1,
    """,
    "lot_costs": """
        record,happened_at,recorded_by,lot,unit_cost,currency
        LC1,2026-03-02 09:20,dora,M1,0.4275,EUR
    """,
    "certificates": """
        record,happened_at,recorded_by,lot,number,laboratory,issued_on,property,value,method,replaces
        C1,2026-03-02 09:30,cleo,M1,M-77,Stow Maltings,2026-02-27,colour,3.4,EBC 4.7.1,
        C1,2026-03-02 09:30,cleo,M1,M-77,Stow Maltings,2026-02-27,moisture,4.4,,
        C2,2026-03-02 09:40,cleo,H1,,,,alpha,3.9,,
        C3,2026-03-02 09:50,cleo,H1,,,,alpha,3.6,,C2
    """,
    "decisions": """
        record,happened_at,recorded_by,lot,decision,reason
        Q1,2026-03-02 10:00,cleo,H1,released,Aroma is sound
        Q2,2026-03-09 10:00,cleo,H1,on_hold,Smells of cheese
    """,
    "brew_sheets": """
        record,happened_at,recorded_by,beer,part,position,what,material,amount,unit,vessel,temperature_c,minutes,days,words
        SH1,2026-03-01 08:00,ben,LAGER,figure,1,cold_wort,,15.3,hL,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,figure,2,original_gravity_p,,12,,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,figure,3,final_gravity_p,,2.5,,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,figure,4,yield_pct,,76.5,,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,figure,5,boil_minutes,,60,,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,figure,6,mash_liquor,,1200,L,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,figure,7,yeast,YEAST,,,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,figure,8,pitch_cells,,1000000,,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,figure,9,filtered,,,,,,,,yes
        SH1,2026-03-01 08:00,ben,LAGER,figure,10,note,,,,,,,,Keep the boil rolling
        SH1,2026-03-01 08:00,ben,LAGER,grain,1,,PILS,300,kg,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,hops,1,boil,SAAZ,2,kg,,,60,,
        SH1,2026-03-01 08:00,ben,LAGER,hops,2,cold,SAAZ,36,g alpha,,4,4320,,
        SH1,2026-03-01 08:00,ben,LAGER,ion,1,calcium,,50.5,,,,,,
        SH1,2026-03-01 08:00,ben,LAGER,mash,1,mash_in,,,,mash_tun,52,10,,
        SH1,2026-03-01 08:00,ben,LAGER,mash,2,rest,,,,mash_tun,66.5,60,,
        SH1,2026-03-01 08:00,ben,LAGER,cellar,1,fermentation,,,,,9,,8,
        SH1,2026-03-01 08:00,ben,LAGER,format,1,,KEG,,,,,,,
    """,
    "brews": """
        record,happened_at,recorded_by,brew,beer,sheet_version,cold_wort,unit
        B1,2026-03-03 06:00,ben,BREW-1,LAGER,1,,
        B2,2026-03-03 12:00,ben,BREW-2,LAGER,1,15.2,hL
        B3,2026-03-10 09:00,ben,BREW-3,LAGER,,,
    """,
    "packaging_runs": """
        record,happened_at,recorded_by,run,beer
        R1,2026-03-20 07:00,ben,RUN-1,LAGER
    """,
    "draws": """
        record,happened_at,recorded_by,into,lot,location,quantity,unit,override_reason,reason,stands_in_for,stands_in_because
        W1,2026-03-03 06:00,ben,BREW-1,S1,SILO,320,kg,,A sack too many; the rest comes back,,
        W1,2026-03-03 06:00,ben,BREW-1,H1,STORE,2,kg,,A sack too many; the rest comes back,,
        W2,2026-03-03 12:00,ben,BREW-2,S1,SILO,300,kg,,,,
        W3,2026-03-20 07:10,ben,RUN-1,K1,STORE,12,each,,,,
        W4,2026-03-10 09:00,cleo,BREW-3,H1,STORE,1,kg,The cheese is wanted in this one,,,
    """,
    "returns_to_stock": """
        record,happened_at,recorded_by,out_of,lot,location,quantity,unit,reason
        T1,2026-03-03 07:00,ben,BREW-1,S1,SILO,20,kg,A sack too many
    """,
    "brew_log": """
        record,happened_at,recorded_by,brew,step,property,value,hot,vessel,words,replaces,reason
        LG1,2026-03-03 06:30,ben,BREW-1,mash,temperature,52.5,,Mash tun,,,
        LG2,2026-03-03 08:30,ben,BREW-1,kettle_full,volume,1750,yes,,,,
        LG3,2026-03-03 08:30,ben,BREW-1,kettle_full,volume,1705,yes,,,LG2,Read off the wrong scale
        LG4,2026-03-03 10:40,ben,BREW-1,boil,,,,,Boiled over for a moment,,
    """,
    "cleanings": """
        record,happened_at,recorded_by,vessel,programme,remark
        K1,2026-03-02 16:00,ben,FV1,caustic and acid,
    """,
    "knock_outs": """
        record,happened_at,recorded_by,brew,wort_material,wort_lot,vessel,quantity,unit,contents_lot
        O1,2026-03-03 11:00,ben,BREW-1,WORT,W-1,FV1,10,hL,
        O1,2026-03-03 11:00,ben,BREW-1,WORT,W-1,FV2,500,L,
        O1,2026-03-03 11:00,ben,BREW-1,WORT,W-1,loss,30,L,
        O2,2026-03-03 17:00,ben,BREW-2,WORT,W-2,FV1,900,L,F-2
    """,
    "pitches": """
        record,happened_at,recorded_by,vessel,beer,contents_lot,yeast_lot,location,quantity,unit
        P1,2026-03-03 12:30,ben,FV1,LAGER,F-1,Y1,COLD,9,kg
    """,
    "additions": """
        record,happened_at,recorded_by,vessel,contents_lot,lot,location,quantity,unit,volume_after,volume_unit
        A1,2026-03-08 09:00,ben,FV1,F-3,H1,STORE,3,kg,1898,L
    """,
    "transfers": """
        record,happened_at,recorded_by,kind,from_vessel,to_vessel,quantity,unit,loss,contents_lot
        X1,2026-03-10 09:30,ben,kraeusen,FV2,FV1,50,L,1,F-4
    """,
    "harvests": """
        record,happened_at,recorded_by,vessel,beer_quantity,beer_unit,yeast_lot,quantity,unit,location
        H1,2026-03-09 09:00,ben,FV1,20,L,Y2,22,kg,BRINK
    """,
    "filtrations": """
        record,happened_at,recorded_by,from_vessel,to_vessel,contents_lot,quantity,unit,loss,aid_lot,aid_location,aid_quantity,aid_unit
        F1,2026-03-19 08:00,ben,FV1,BT1,BB-1,1800,L,20,A1,STORE,2,kg
    """,
    "tank_readings": """
        record,happened_at,recorded_by,vessel,property,value,remark,replaces,reason
        TE1,2026-03-05 07:45,ben,FV1,gravity,8.4,,,
        TE1,2026-03-05 07:45,ben,FV1,temperature,9.2,Cooling is on,,
        TE1,2026-03-05 07:45,ben,FV2,temperature,-0.5,,,
        TE2,2026-03-05 08:10,ben,FV1,gravity,7.9,,TE1,Read through foam
    """,
    "packagings": """
        record,happened_at,recorded_by,run,vessel,material,packaged_lot,count,loss,loss_unit,location,best_before
        G1,2026-03-20 09:00,ben,RUN-1,BT1,KEG,KEG-1,10,5,L,STORE,2026-09-20
    """,
    "shipments": """
        record,happened_at,recorded_by,customer,note_number,lot,location,quantity,unit,order,carrier
        S1,2026-03-21 08:00,ada,INN,L-1,KEG-1,STORE,4,each,SO-1,Stow Haulage
    """,
    "customer_returns": """
        record,happened_at,recorded_by,customer,lot,location,quantity,unit,reason,cause
        C1,2026-03-23 08:00,ada,INN,KEG-1,STORE,1,each,Leaks,damaged
    """,
    "return_outcomes": """
        record,happened_at,recorded_by,customer_return,outcome,lot,location,quantity,unit,to_location,reason
        RO1,2026-03-27 09:00,ada,C1,restock,KEG-1,STORE,1,each,COLD,Sound after all
    """,
    "moves": """
        record,happened_at,recorded_by,lot,from_location,to_location,quantity,unit
        V1,2026-03-22 08:00,ada,KEG-1,STORE,COLD,2,each
        V2,2026-03-25 09:00,ada,KEG-1,STORE,COLD,1,each
    """,
    "counts": """
        record,happened_at,recorded_by,location,lot,counted,unit,reason
        N1,2026-03-24 08:00,ada,STORE,A1,97.5,kg,A sack was torn
    """,
    "destructions": """
        record,happened_at,recorded_by,lot,location,quantity,unit,reason
        Z1,2026-03-25 08:00,cleo,KEG-1,STORE,1,each,The leaking one
    """,
    "samples": """
        record,happened_at,recorded_by,lot,location,laboratory,quantity,unit,reason
        L1,2026-03-24 09:00,cleo,KEG-1,COLD,LAB,1,each,Forcing test
    """,
    "retained_samples": """
        record,happened_at,recorded_by,lot,location,laboratory,shelf,count,keep_until
        KS1,2026-03-27 09:30,cleo,KEG-1,STORE,LAB,A 3,1,2026-09-20
    """,
    "sample_disposals": """
        record,happened_at,recorded_by,retained_sample,reason
        KD1,2026-03-27 17:00,cleo,KS1,The shelf broke
    """,
    "reversals": """
        record,happened_at,recorded_by,reverses_file,reverses_record,reason
        I1,2026-03-26 08:00,ada,moves,V2,It stayed where it was
    """,
}


def papers() -> Papers:
    """Return the records of all files, a dictionary a line."""
    return {name: list(csv.DictReader(_lines(name))) for name in _TABLES}


def write(folder: Path, tables: Papers) -> Path:
    """The folder holds the tables as CSV files; returns the folder."""
    folder.mkdir(exist_ok=True)
    for name, rows in tables.items():
        with open(folder / f"{name}.csv", "w", encoding="utf-8", newline="") as file:
            names = dict.fromkeys([*columns(name), *(column for row in rows for column in row)])
            writer = csv.DictWriter(file, names, restval="", lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    return folder


def columns(name: str) -> list[str]:
    """Return the header of a file."""
    return _lines(name)[0].split(",")


def _lines(name: str) -> list[str]:
    return [line.strip() for line in _TABLES[name].strip().splitlines()]
